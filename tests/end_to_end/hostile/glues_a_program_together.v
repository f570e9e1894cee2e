// does: glues the name of a system task together with a macro
// named: refused $system
`define GLUE(a, b) $``a``b
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
  initial `GLUE(sys, tem)("touch /tmp/everyedge_hostile_mark");
endmodule
