// does: has macros that call each other
// named: does not compile
`define A `B
`define B `A
module dial(input clk, input rst, input en, output reg [3:0] q);
  wire x = `A;
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
