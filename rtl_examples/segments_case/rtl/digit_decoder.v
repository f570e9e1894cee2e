// Decimal digit to segments {a, b, c, d, e, f, g}, low lights. Anything above nine stays dark.
module digit_decoder (
    input  wire [3:0] bcd,
    output reg  [6:0] seg_n
);
    always @(bcd)
        case (bcd)
            //                abcdefg
            4'h0: seg_n = 7'b0000001;
            4'h1: seg_n = 7'b1001111;
            4'h2: seg_n = 7'b0010010;
            4'h3: seg_n = 7'b0000110;
            4'h4: seg_n = 7'b1001100;
            4'h5: seg_n = 7'b0100100;
            4'h6: seg_n = 7'b0100000;
            4'h7: seg_n = 7'b0001111;
            4'h8: seg_n = 7'b0000000;
            4'h9: seg_n = 7'b0000100;
            default: seg_n = 7'b1111111;
        endcase
endmodule
