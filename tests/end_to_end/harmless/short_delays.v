// holds: delays as some write them
`timescale 1ns/1ps
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= #1 (q == 9) ? 0 : q + 1;
endmodule
