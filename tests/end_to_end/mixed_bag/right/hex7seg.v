module hex7seg(input [3:0] nibble, output reg [6:0] seg_n);
  // active low, gfedcba
  always @(*)
    case (nibble)
      4'd0: seg_n = 7'b1000000;
      4'd1: seg_n = 7'b1111001;
      4'd2: seg_n = 7'b0100100;
      4'd3: seg_n = 7'b0110000;
      4'd4: seg_n = 7'b0011001;
      4'd5: seg_n = 7'b0010010;
      4'd6: seg_n = 7'b0000010;
      4'd7: seg_n = 7'b1111000;
      4'd8: seg_n = 7'b0000000;
      4'd9: seg_n = 7'b0010000;
      4'd10: seg_n = 7'b0001000;
      4'd11: seg_n = 7'b0000011;
      4'd12: seg_n = 7'b1000110;
      4'd13: seg_n = 7'b0100001;
      4'd14: seg_n = 7'b0000110;
      4'd15: seg_n = 7'b0001110;
    endcase
endmodule
