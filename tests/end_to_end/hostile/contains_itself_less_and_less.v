// does: contains itself, a million deep
// named: does not compile
module deep #(parameter N = 1000000) (input a, output b);
  generate if (N > 0) begin : g deep #(N - 1) d(a, b); end else assign b = a; endgenerate
endmodule
module dial(input clk, input rst, input en, output reg [3:0] q);
  wire b; deep d(clk, b);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
