// does: macros that use each other
// named: unreadable
module dial (input clk, input rst, input en, output reg [3:0] q);
`define m0 x x x x x x x x x x
`define m1 `m0 `m0 `m0 `m0 `m0 `m0 `m0 `m0 `m0 `m0
`define m2 `m1 `m1 `m1 `m1 `m1 `m1 `m1 `m1 `m1 `m1
`define m3 `m2 `m2 `m2 `m2 `m2 `m2 `m2 `m2 `m2 `m2
`define m4 `m3 `m3 `m3 `m3 `m3 `m3 `m3 `m3 `m3 `m3
`define m5 `m4 `m4 `m4 `m4 `m4 `m4 `m4 `m4 `m4 `m4
`define m6 `m5 `m5 `m5 `m5 `m5 `m5 `m5 `m5 `m5 `m5
`define m7 `m6 `m6 `m6 `m6 `m6 `m6 `m6 `m6 `m6 `m6
`define m8 `m7 `m7 `m7 `m7 `m7 `m7 `m7 `m7 `m7 `m7
`define m9 `m8 `m8 `m8 `m8 `m8 `m8 `m8 `m8 `m8 `m8
    wire `m9;
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
endmodule
