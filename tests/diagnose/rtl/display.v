// Minutes and seconds on four digits, each with lines of its own and scanned, with a fault on demand.
module display #(
    parameter CLK_HZ = 6
) (
    input  wire       clk,
    input  wire       rst,
    input  wire       enable,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output wire [6:0] digit0, digit1, digit2, digit3,
    output reg  [3:0] select,
    output reg  [6:0] segments
);
`define F(k) (fault_a == (k) || fault_b == (k))
    reg [3:0] clocks, s0, s1, m0, m1;
    wire full  = clocks == (`F(1) ? CLK_HZ : CLK_HZ - 1);
    wire end_s = s0 == 9 && s1 == (`F(2) ? 6 : 5);
    wire ticks = full && (enable || `F(3));
    always @(posedge clk)
        if (rst) begin
            clocks <= 0;
            s0 <= 0; s1 <= 0; m0 <= 0; m1 <= 0;
        end else if (enable || `F(3)) begin
            clocks <= full ? 4'd0 : clocks + 4'd1;
            if (ticks) begin
                s0 <= s0 == 9 ? 4'd0 : s0 + 4'd1;
                if (s0 == 9) s1 <= end_s ? 4'd0 : s1 + 4'd1;
                if (end_s) m0 <= m0 == 9 ? 4'd0 : m0 + 4'd1;
                if (end_s && m0 == 9) m1 <= m1 == 5 ? 4'd0 : m1 + 4'd1;
            end
        end

    function [6:0] glyph(input [3:0] digit, input wrong);
        case (digit)
            0: glyph = 7'h3f;
            1: glyph = 7'h06;
            2: glyph = 7'h5b;
            3: glyph = 7'h4f;
            4: glyph = wrong ? 7'h62 : 7'h66;
            5: glyph = 7'h6d;
            6: glyph = 7'h7d;
            7: glyph = 7'h07;
            8: glyph = 7'h7f;
            9: glyph = 7'h6f;
            default: glyph = 0;
        endcase
    endfunction
    function [6:0] back(input [6:0] w);
        back = {w[0], w[1], w[2], w[3], w[4], w[5], w[6]};
    endfunction

    wire [6:0] g0 = glyph(s0, `F(4)), g1 = glyph(s1, `F(4) || `F(5)), g2 = glyph(m0, `F(4)), g3 = glyph(m1, `F(4));
    reg  [6:0] late0;
    always @(posedge clk) late0 <= g0;
    assign digit0 = `F(6) ? ~g1 : `F(7) ? ~late0 : `F(8) ? g0 : ~g0;
    assign digit1 = `F(6) ? ~g0 : `F(8) ? g1 : ~g1;
    assign digit2 = `F(8) ? g2 : `F(9) ? ~back(g2) : ~g2;
    assign digit3 = `F(8) ? g3 : `F(10) && m1 == 0 ? 7'h7f : ~g3;

    // Two clocks per digit.
    reg       half;
    reg [1:0] turn;
    wire [1:0] at = `F(21) && turn == 2 ? 2'd1 : `F(22) ? 2'd0 - turn : `F(25) ? {turn[0], turn[1]} : turn;
    wire [1:0] of = `F(26) ? at + 2'd1 : `F(28) && at == 2 ? 2'd3 : at;
    wire [6:0] lines = of == 0 ? g0 : of == 1 ? g1 : of == 2 ? g2 : g3;
    reg [6:0] lines_q;
    reg [3:0] before;
    always @(posedge clk)
        if (rst) begin
            half <= 0;
            turn <= 0;
            before <= 1;
            lines_q <= 7'h3f;
        end else begin
            half <= !half;
            if (half) turn <= `F(27) && turn == 2 ? 2'd0 : turn + 2'd1;
            before <= 4'd1 << at;
            lines_q <= lines;
        end
    always @* begin
        select   = `F(23) ? 4'd1 << at | before : 4'd1 << at;
        segments = `F(24) ? lines_q : lines;
    end
`undef F
endmodule
