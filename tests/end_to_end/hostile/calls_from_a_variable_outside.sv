// does: runs a program to preset a variable outside of all modules
// named: refused $system
int x = $system("touch /tmp/everyedge_hostile_mark");
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
