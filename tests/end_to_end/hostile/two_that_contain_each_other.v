// does: two modules that contain each other
// named: does not compile
module ping(input a); pong p(a); endmodule
module pong(input a); ping p(a); endmodule
module dial(input clk, input rst, input en, output reg [3:0] q);
  ping p(clk);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
