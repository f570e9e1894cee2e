// does: runs a program in a function outside of all modules
// named: refused $system
function automatic int f(); return $system("touch /tmp/everyedge_hostile_mark"); endfunction
module dial(input clk, input rst, input en, output reg [3:0] q);
  int x = f();
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
