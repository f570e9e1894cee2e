// does: has a delay where a board has none
// named: refused delay of 600 ns
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= #600 (q == 10) ? 0 : q + 1;
endmodule
