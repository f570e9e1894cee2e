// does: keeps the name of its file in a number
// named: refused $fopen
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
  reg [8*26-1:0] n = "/tmp/everyedge_hostile_mark";
  integer f;
  initial begin f = $fopen(n, "w"); end
endmodule
