// does: forces a net through an interface
// named: refused force
interface bus(input clk); initial force dial.q = 3; endinterface
module dial(input clk, input rst, input en, output reg [3:0] q);
  bus i(clk);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
