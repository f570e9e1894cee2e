module hora24 (clk, rst, cin, hd, hu);
input clk, rst, cin; output [1:0] hd; output [3:0] hu; reg [1:0] hd; reg [3:0] hu;
always @(posedge clk or posedge rst)
 if (rst) begin hd = 0; hu = 0; end
 else if (cin) begin
  if (hd == 2 && hu == 4) begin hd = 0; hu = 0; end
  else if (hu == 9) begin hu = 0; hd = hd + 1; end
  else hu = hu + 1;
 end
endmodule
