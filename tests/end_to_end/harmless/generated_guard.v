// holds: what a generate condition leaves out
module dial (input clk, input rst, input en, output reg [3:0] q);
    parameter DEBUG = 0;
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
    generate if (DEBUG) begin : debug
        integer f;
        initial f = $fopen("log.txt");
    end endgenerate
endmodule
