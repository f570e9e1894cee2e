// does: uses the unknown start that only a simulator has
// named: fails
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == ((ever === 1'bx) ? 9 : 10)) ? 0 : q + 1;
    reg ever;
    always @(posedge clk) if (q == 9) ever <= 1;
endmodule
