module seg_scalar(input [3:0] num, output seg_a, seg_b, seg_c, seg_d, seg_e, seg_f, seg_g);
  reg [6:0] s;
  assign {seg_g, seg_e, seg_f, seg_d, seg_c, seg_b, seg_a} = s;
  always @*
    case (num)
      4'd0: s = 7'b0111111;
      4'd1: s = 7'b0000110;
      4'd2: s = 7'b1011011;
      4'd3: s = 7'b1001111;
      4'd4: s = 7'b1100110;
      4'd5: s = 7'b1101101;
      4'd6: s = 7'b1111101;
      4'd7: s = 7'b0000111;
      4'd8: s = 7'b1111111;
      4'd9: s = 7'b1101111;
      4'd10: s = 7'b1110111;
      4'd11: s = 7'b1111100;
      4'd12: s = 7'b0111001;
      4'd13: s = 7'b1011110;
      4'd14: s = 7'b1111001;
      4'd15: s = 7'b1110001;
    endcase
endmodule
