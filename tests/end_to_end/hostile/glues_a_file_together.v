// does: glues $fopen together with a macro in a macro
// named: refused $fopen
`define OPEN(x) $f``x
`define CALL(x) `OPEN(x)
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
  integer f;
  initial f = `CALL(open)("/tmp/everyedge_hostile_mark", "w");
endmodule
