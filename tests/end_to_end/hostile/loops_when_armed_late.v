// does: arms a loop without delay after many clocks
// named: undecided hang
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
  reg [11:0] n = 0; reg a = 0, b = 0;
  always @(posedge clk) n <= n + 1;
  always @(a or n) if (n > 3000) b = !a;
  always @(b) a = b;
endmodule
