// common anode display
module display_driver(input clk, input [3:0] digit, output reg [6:0] cathodes);
  always @(posedge clk)
    case (digit)
      4'd0: cathodes <= 7'b1000000;
      4'd1: cathodes <= 7'b1111001;
      4'd2: cathodes <= 7'b0010010;
      4'd3: cathodes <= 7'b0110000;
      4'd4: cathodes <= 7'b0011001;
      4'd5: cathodes <= 7'b0010010;
      4'd6: cathodes <= 7'b0000010;
      4'd7: cathodes <= 7'b1111000;
      4'd8: cathodes <= 7'b0000000;
      4'd9: cathodes <= 7'b0010000;
      default: cathodes <= 7'b1111111;
    endcase
endmodule
