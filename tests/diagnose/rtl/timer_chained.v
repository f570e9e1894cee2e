// Seconds, minutes and hours as three instances of one stage, with a fault on demand.
module timer_chained #(
    parameter CLK_HZ = 4
) (
    input  wire       clk,
    input  wire       rst,
    input  wire       enable,
    input  wire       clear,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output wire [5:0] seconds,
    output wire [5:0] minutes,
    output wire [6:0] hours,
    output wire       tick
);
`define F(k) (fault_a == (k) || fault_b == (k))
    wire run   = `F(1) || (enable ^ `F(2));
    wire zero  = clear && !`F(24) && (enable || !`F(25));
    reg  [3:0] left;
    wire [3:0] full = `F(3) ? CLK_HZ : `F(4) ? CLK_HZ - 2 : CLK_HZ - 1;
    assign tick = run && left == 0;
    always @(posedge clk or posedge rst)
        if (rst) left <= full;
        else if (zero) left <= full;
        else if (`F(6) && !run) left <= full;
        else if (run) left <= left == 0 ? full : left - 4'd1;

    wire carry_s, carry_m, spare;
    reg  late_m, late_h;
    always @(posedge clk or posedge rst)
        if (rst) {late_m, late_h} <= 2'b00;
        else if (zero) {late_m, late_h} <= 2'b00;
        else {late_m, late_h} <= {carry_s, carry_m};
    wire step_m = `F(16) ? late_m : `F(18) ? tick : carry_s;
    wire step_h = `F(19) ? late_h : `F(21) ? carry_s : carry_m;
    wire [5:0] s, m;
    stage #(.WIDTH(6)) u_s (.clk(clk), .rst(rst), .clear(zero), .step(tick && !`F(29)),
        .last(`F(7) ? 6'd6 : `F(8) ? 6'd4 : 6'd5), .first(`F(31) ? 6'd1 : 6'd0), .count(s), .carry(carry_s));
    stage #(.WIDTH(6)) u_m (.clk(clk), .rst(rst), .clear(zero && !`F(27)), .step(step_m && !`F(32)),
        .last(`F(9) ? 6'd5 : `F(10) ? 6'd3 : 6'd4), .first(6'd0), .count(m), .carry(carry_m));
    stage #(.WIDTH(7)) u_h (.clk(clk), .rst(rst), .clear(zero && !`F(28)), .step(step_h && !`F(33)),
        .last(`F(11) ? 7'd7 : `F(12) ? 7'd5 : `F(13) ? 7'd127 : 7'd6), .first(7'd0), .count(hours), .carry(spare));
    assign seconds = `F(34) ? m : s;
    assign minutes = `F(34) ? s : m;
`undef F
endmodule

module stage #(
    parameter WIDTH = 6
) (
    input  wire             clk, rst, clear, step,
    input  wire [WIDTH-1:0] last, first,
    output reg  [WIDTH-1:0] count,
    output wire             carry
);
    assign carry = step && count == last;
    always @(posedge clk or posedge rst)
        if (rst) count <= 0;
        else if (clear) count <= 0;
        else if (step) count <= count == last ? first : count + 1'b1;
endmodule
