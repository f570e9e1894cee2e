// does: opens a file in a generate block
// named: refused $fopen
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
  genvar i;
  generate for (i = 0; i < 2; i = i + 1) begin : g
    if (i == 1) begin : h
      integer f;
      initial f = $fopen("/tmp/everyedge_hostile_mark", "w");
    end
  end endgenerate
endmodule
