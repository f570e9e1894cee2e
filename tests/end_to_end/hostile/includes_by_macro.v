// does: names the file to include by a macro
// named: refused `include of /etc/passwd
`define SECRET "/etc/passwd"
`include `SECRET
module dial(input clk, input rst, input en, output reg [3:0] q);
  always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
endmodule
