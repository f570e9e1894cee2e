// does: prints on every change by $monitor to a file
// named: refused $fmonitor
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
  initial $fmonitor(32'h8000_0001, q);
endmodule
