// 数码管译码
module smg_decode(input [3:0] shuru, output reg [7:0] duan);
always @(shuru) begin
  case (shuru)
    4'd0: duan = 8'hc0;
    4'd1: duan = 8'hf9;
    4'd2: duan = 8'ha4;
    4'd3: duan = 8'hb0;
    4'd4: duan = 8'h99;
    4'd5: duan = 8'h92;
    4'd6: duan = 8'h82;
    4'd7: duan = 8'hf8;
    4'd8: duan = 8'h80;
    4'd9: duan = 8'h90;
    default: duan = 8'hff;
  endcase
end
endmodule
