module ampel(input clk, rst, output reg rot, gelb, gruen);
 reg [3:0] c; reg [1:0] z;
 always @(posedge clk) if (rst) begin c<=0; z<=0; end else begin
  c <= c + 1; if (c == 9) begin c <= 0; z <= z + 1; end end
 always @* begin rot = z==0 || z==1; gelb = z==1 || z==3; gruen = z==2; end
endmodule
