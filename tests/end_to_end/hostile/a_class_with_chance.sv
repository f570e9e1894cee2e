// does: depends on chance through a class
// named: refused randomize
class c; rand bit [7:0] x; endclass
module dial(input clk, input rst, input en, output reg [3:0] q);
  c o; reg bad = 0;
  initial begin o = new; void'(o.randomize()); bad = o.x[0]; end
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (bad ? 9 : 10)) ? 0 : q + 1;
endmodule
