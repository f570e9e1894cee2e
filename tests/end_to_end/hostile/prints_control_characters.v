// does: prints what a terminal obeys
// named: fails
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    always @(q) $write("\033[2J\033[31m\000\007");
endmodule
