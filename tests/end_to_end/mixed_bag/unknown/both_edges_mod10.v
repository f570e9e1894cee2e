module both_edges_mod10(input clk, input rst, output [3:0] q);
  reg [3:0] a, b;
  always @(posedge clk) if (rst) a <= 0; else a <= (a == 9) ? 0 : a + 1;
  always @(negedge clk) if (rst) b <= 0; else b <= (b == 9) ? 0 : b + 1;
  assign q = (a + b > 9) ? a + b - 10 : a + b;
endmodule
