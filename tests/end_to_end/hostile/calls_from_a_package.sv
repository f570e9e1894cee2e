// does: runs a program in a function of a package
// named: refused $system
package pk; function automatic int f(); return $system("touch /tmp/everyedge_hostile_mark"); endfunction endpackage
module dial(input clk, input rst, input en, output reg [3:0] q);
  int x = pk::f();
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
