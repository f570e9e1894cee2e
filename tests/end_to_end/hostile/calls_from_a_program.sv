// does: runs a program in a program block
// named: refused $system
program pr; initial $system("touch /tmp/everyedge_hostile_mark"); endprogram
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
  pr p();
endmodule
