// does: looks into the simulator
// named: refused $countdrivers
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (!$countdrivers(clk) ? 9 : 10)) ? 0 : q + 1;
endmodule
