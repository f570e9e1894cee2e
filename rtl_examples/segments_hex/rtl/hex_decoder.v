// Hexadecimal digit to segments [0:6] = a .. g, high lights, out of a function.
module hex_decoder (
    input  [3:0] nibble,
    output [0:6] lit
);
    function [0:6] glyph;
        input [3:0] n;
        case (n)
            //                   abcdefg
            4'h0: glyph = 7'b1111110;
            4'h1: glyph = 7'b0110000;
            4'h2: glyph = 7'b1101101;
            4'h3: glyph = 7'b1111001;
            4'h4: glyph = 7'b0110011;
            4'h5: glyph = 7'b1011011;
            4'h6: glyph = 7'b1011111;
            4'h7: glyph = 7'b1110000;
            4'h8: glyph = 7'b1111111;
            4'h9: glyph = 7'b1111011;
            4'ha: glyph = 7'b1110111;
            4'hb: glyph = 7'b0011111;
            4'hc: glyph = 7'b1001110;
            4'hd: glyph = 7'b0111101;
            4'he: glyph = 7'b1001111;
            4'hf: glyph = 7'b1000111;
        endcase
    endfunction

    assign lit = glyph(nibble);
endmodule
