// holds: references into what it contains
module dial (input clk, input rst, input en, output reg [3:0] q);
    inner u (clk, rst, en);
    always @* q = u.n;
endmodule
module inner (input clk, input rst, input en);
    reg [3:0] n;
    always @(posedge clk) if (rst) n <= 0; else if (en) n <= (n == 9) ? 0 : n + 1;
endmodule
