// does: ends the simulation by time
// named: refused delay in an initial block
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    initial begin q = 0; #50000 q = 0; $finish; end
endmodule
