// A counter of minutes as a next-state function and a register, with a fault on demand.
module counter_next (
    input  wire       clk,
    input  wire       rst_n,
    input  wire       enable,
    input  wire       clear,
    input  wire       load,
    input  wire [5:0] value,
    input  wire       up,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output reg  [5:0] count,
    output wire       carry
);
`define F(k) (fault_a == (k) || fault_b == (k))
    localparam [5:0] LAST = 6'd59;
    reg  [5:0] following;
    wire [5:0] top    = `F(1) ? 6'd60 : `F(2) ? 6'd58 : `F(3) ? 6'd63 : LAST;
    wire       rises  = `F(7) || (up ^ `F(8));
    wire       at_end = rises ? count == top : count == 6'd0;
    always @* begin
        following = count;
        if (enable || `F(15))
            if (rises) following = at_end ? (`F(4) ? 6'd1 : 6'd0) : count + 6'd1;
            else       following = at_end ? (`F(6) ? 6'd63 : top) : count - 6'd1;
        if (load && !`F(11)) following = `F(13) ? {1'b0, value[4:0]} : value;
        if (clear && !`F(9) && (enable || !`F(10)) && !(`F(17) && load)) following = `F(18) ? 6'd1 : 6'd0;
    end
    always @(posedge clk or negedge rst_n)
        if (!rst_n) count <= `F(16) ? 6'd1 : 6'd0;
        else        count <= following;
    assign carry = `F(24) ? 1'b0 : at_end && (enable || `F(22) || `F(15));
`undef F
endmodule
