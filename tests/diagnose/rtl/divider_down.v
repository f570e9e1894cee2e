// The tick of a counter that counts down to zero and is reloaded, with a fault on demand.
module divider_down #(
    parameter RATIO = 12
) (
    input  wire       clk,
    input  wire       rst,
    input  wire       enable,
    input  wire       clear,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output reg        tick
);
`define F(k) (fault_a == (k) || fault_b == (k))
    wire [7:0] full = `F(1) ? RATIO : `F(2) ? RATIO - 2 : `F(3) ? (RATIO - 1) & 8'h03 : `F(14) ? 2 * RATIO - 1 : RATIO - 1;
    wire       run  = `F(5) || (`F(12) ? !enable : enable);
    wire       zero = !`F(6) && (`F(7) ? clear && enable : `F(8) ? clear || !enable : `F(13) ? !clear : clear);
    reg  [7:0] left, left_next;
    reg        tick_next;
    always @* begin
        left_next = left;
        tick_next = 1'b0;
        casez ({zero, run, left == 0})
            3'b1??: left_next = full;
            3'b011: begin left_next = full; tick_next = 1'b1; end
            3'b010: left_next = left - 8'd1;
            default: ;
        endcase
    end
    always @(posedge clk)
        if (rst) begin
            left <= full;
            tick <= 1'b0 ^ `F(9);
        end else begin
            left <= left_next;
            tick <= tick_next ^ `F(9);
        end
`undef F
endmodule
