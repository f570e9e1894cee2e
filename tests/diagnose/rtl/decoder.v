// A digit on seven segments, active low, with a fault on demand; and on seven wires, active high.
module decoder (
    input  wire [3:0] digit,
    input  wire       blank,
    input  wire       lamp_test,
    input  wire [7:0] fault_a,
    input  wire [7:0] fault_b,
    output wire [6:0] seg_n,
    output wire       a, b, c, d, e, f, g
);
`define F(k) (fault_a == (k) || fault_b == (k))
    reg [6:0] glyph;
    always @* begin
        case (digit)
            4'd0: glyph = 7'h3f;
            4'd1: glyph = 7'h06;
            4'd2: glyph = `F(1) || `F(19) ? 7'h5a : 7'h5b;
            4'd3: glyph = 7'h4f;
            4'd4: glyph = `F(2) ? 7'h67 : 7'h66;
            4'd5: glyph = `F(3) ? 7'h7d : 7'h6d;
            4'd6: glyph = `F(3) ? 7'h6d : 7'h7d;
            4'd7: glyph = 7'h07;
            4'd8: glyph = `F(4) ? 7'h00 : 7'h7f;
            4'd9: glyph = 7'h6f;
            4'd10: glyph = `F(5) ? 7'h77 : 7'h00;
            4'd11: glyph = `F(5) ? 7'h7c : 7'h00;
            4'd12: glyph = `F(5) ? 7'h39 : 7'h00;
            4'd13: glyph = `F(5) ? 7'h5e : 7'h00;
            4'd14: glyph = `F(5) ? 7'h79 : 7'h00;
            default: glyph = `F(5) ? 7'h71 : 7'h00;
        endcase
        if (`F(6) && digit > 9) glyph = 7'h40;
        if (`F(7)) glyph[3] = 0;
        if (`F(8)) glyph[6] = 1;
    end
    reg [6:0] held;
    always @* if (!`F(9) || digit <= 9) held = glyph;
    wire [6:0] lit  = `F(10) ? 7'h3f : 7'h7f;
    wire [6:0] dark = `F(11) ? 7'h40 : 7'h00;
    wire blanks = `F(12) ? 1'b0 : `F(13) ? !blank : blank;
    wire tests  = `F(14) ? 1'b0 : lamp_test;
    wire [6:0] shown = `F(15) ? (blanks ? dark : tests ? lit : held) : (tests ? lit : blanks ? dark : held);
    wire [6:0] order = `F(16) || `F(19) ? {shown[0], shown[1], shown[2], shown[3], shown[4], shown[5], shown[6]} :
                       `F(17) ? {shown[6:2], shown[0], shown[1]} : shown;
    assign seg_n = `F(18) ? order : ~order;
    assign {g, f, e, d, c, b, a} = order;
`undef F
endmodule
