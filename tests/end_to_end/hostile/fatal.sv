// does: ends the simulation with an error
// named: refused $fatal
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    initial $fatal(0);
endmodule
