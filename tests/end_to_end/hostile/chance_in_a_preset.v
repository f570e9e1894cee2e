// does: a preset by chance decides whether it is right
// named: refused $random
module dial(input clk, input rst, input en, output reg [3:0] q);
  integer r;
  initial r = $random;
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (r[0] ? 9 : 10)) ? 0 : q + 1;
endmodule
