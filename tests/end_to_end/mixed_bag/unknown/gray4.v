module gray4(input clk, input rst, output [3:0] g);
  reg [3:0] b;
  always @(posedge clk) if (rst) b <= 0; else b <= b + 1;
  assign g = b ^ (b >> 1);
endmodule
