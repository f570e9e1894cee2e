// does: stops the simulation
// named: refused $stop
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    always @(posedge clk) $stop;
endmodule
