// does: runs a program in a let
// named: refused $system
module dial(input clk, input rst, input en, output reg [3:0] q);
  let f = $system("touch /tmp/everyedge_hostile_mark");
  int x; initial x = f;
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
