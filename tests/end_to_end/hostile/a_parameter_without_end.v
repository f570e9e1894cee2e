// does: has a parameter of a million bits
// named: does not compile
module dial #(parameter [1000000000:0] P = 1) (input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
