// does: takes a file of the machine into its text
// named: refused `include of /etc/passwd
`include "/etc/passwd"
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
