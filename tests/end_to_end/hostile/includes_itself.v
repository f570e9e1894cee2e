// does: a file that includes itself twice over
// named: unreadable
`include "includes_itself.v"
`include "includes_itself.v"
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
endmodule
