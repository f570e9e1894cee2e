// does: ends the simulation at time 0
// named: refused $finish
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    initial $finish;
endmodule
