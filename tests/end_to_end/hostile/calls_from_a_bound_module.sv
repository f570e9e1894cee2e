// does: runs a program in a module bound from outside
// named: refused $system
module spy; initial $system("touch /tmp/everyedge_hostile_mark"); endmodule
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
bind dial spy s();
