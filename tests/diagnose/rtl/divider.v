// A tick and a square wave with a fault on demand: fault_a and fault_b choose up to two.
module divider #(
    parameter RATIO = 12
) (
    input  wire       clk,
    input  wire       rst,
    input  wire       enable,
    input  wire       clear,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output wire       tick,
    output wire       square
);
`define F(k) (fault_a == (k) || fault_b == (k))
    reg  enable_q, clear_q;
    wire run = `F(5) ? 1'b1 : `F(12) ? !enable : `F(11) ? enable_q : enable;
    wire zero = `F(6) ? 1'b0 : `F(7) ? clear && enable : `F(8) ? clear || !enable :
                `F(10) ? clear_q : `F(13) ? !clear : clear;
    wire [7:0] last = `F(1) ? RATIO : `F(2) ? RATIO - 2 : `F(14) ? 2 * RATIO - 1 : `F(17) ? 19 : RATIO - 1;
    wire [7:0] mask = `F(3) || `F(16) ? 8'h07 : 8'hff;
    wire [7:0] full = last & (`F(16) ? 8'hff : mask);

    reg [7:0] count;
    reg       tick_q, tick_qq;
    always @(posedge clk or posedge rst)
        if (rst) begin
            count    <= 0;
            tick_q   <= 0;
            tick_qq  <= 0;
            enable_q <= 1;
            clear_q  <= 0;
        end else begin
            enable_q <= enable;
            clear_q  <= clear;
            tick_qq  <= tick_q;
            if (!`F(15) || run) tick_q <= run && count == full && !zero;
            if (zero) count <= 0;
            else if (run) count <= (count == full ? (`F(18) ? 8'hff : 8'd0) : count + 8'd1) & mask;
        end
    wire wide = `F(4) ? tick_q || tick_qq : tick_q;
    assign tick = wide ^ `F(9);

    reg  [7:0] phase;
    reg        square_q;

    // The square toggles at the end of each half.
    wire [7:0] half = square_q ? (`F(31) ? RATIO / 2 + 1 : RATIO / 2) : (`F(31) ? RATIO / 2 - 1 : RATIO / 2);
    wire [7:0] stop = `F(32) ? half : `F(33) ? half - 2 : half - 1;
    wire [7:0] hold = `F(34) ? 8'h03 : 8'hff;
    always @(posedge clk or posedge rst)
        if (rst) begin
            phase    <= 0;
            square_q <= `F(35);
        end else if (zero) begin
            phase    <= 0;
            square_q <= `F(36) ? square_q : `F(35);
        end else if (run) begin
            if (phase == (stop & hold)) begin
                phase    <= 0;
                square_q <= !square_q;
            end else phase <= (phase + 8'd1) & hold;
        end
    assign square = square_q ^ `F(37);
`undef F
endmodule
