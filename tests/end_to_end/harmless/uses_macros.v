// holds: macros, some of them in others
`define TEN 10
`define MINUS(a, b) ((a) - (b))
`define LAST `MINUS(`TEN, 1)
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == `LAST) ? 0 : q + 1;
endmodule
