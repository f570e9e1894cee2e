// does: runs a program in a class of a package
// named: refused $system
package pk; class c; static function int f(); return $system("touch /tmp/everyedge_hostile_mark"); endfunction endclass endpackage
module dial(input clk, input rst, input en, output reg [3:0] q);
  int x = pk::c::f();
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
