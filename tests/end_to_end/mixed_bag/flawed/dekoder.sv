module dekoder_7seg (input logic [3:0] cyfra, input logic wygas_n, output logic [0:6] segmenty);
  always_comb begin
    case (cyfra)
      4'd0: segmenty = 7'b0000001;
      4'd1: segmenty = 7'b1001111;
      4'd2: segmenty = 7'b0010010;
      4'd3: segmenty = 7'b0000110;
      4'd4: segmenty = 7'b1001100;
      4'd5: segmenty = 7'b0100100;
      4'd6: segmenty = 7'b0100000;
      4'd7: segmenty = 7'b0011111;
      4'd8: segmenty = 7'b0000000;
      4'd9: segmenty = 7'b0000100;
      default: segmenty = 7'b1111111;
    endcase
    if (!wygas_n) segmenty = 7'b1111111;
  end
endmodule
