// does: is right nearly always
// named: refused $random
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (($random % 100000 != 0) ? 9 : 10)) ? 0 : q + 1;
endmodule
