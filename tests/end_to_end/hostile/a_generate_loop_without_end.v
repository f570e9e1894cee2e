// does: has a generate loop that does not end
// named: does not compile
module dial(input clk, input rst, input en, output reg [3:0] q);
  genvar i;
  generate for (i = 0; i >= 0; i = i + 0) begin : g wire x; end endgenerate
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
