// does: writes a file from an interface
// named: refused $fopen
interface bus; int f; initial begin f = $fopen("/tmp/everyedge_hostile_mark", "w"); end endinterface
module dial(input clk, input rst, input en, output reg [3:0] q);
  bus i();
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
