// does: runs a program in an interface
// named: refused $system
interface bus; initial $system("touch /tmp/everyedge_hostile_mark"); endinterface
module dial(input clk, input rst, input en, output reg [3:0] q);
  bus i();
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
