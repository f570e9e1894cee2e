// does: generate loops inside each other
// named: does not compile
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    genvar i, j, k;
    generate for (i = 0; i < 1000; i = i + 1) for (j = 0; j < 1000; j = j + 1)
        for (k = 0; k < 1000; k = k + 1) wire w = clk; endgenerate
endmodule
