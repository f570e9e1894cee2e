// does: is right for the first thousands of clocks
// named: fails
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == ((n < 3000) ? 9 : 10)) ? 0 : q + 1;
    reg [31:0] n = 0;
    always @(posedge clk) n <= n + 1;
endmodule
