// does: prints into a file of the harness
// named: refused $fdisplay
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    always @(q) $fdisplay(32'h80000003, "%d", q);
endmodule
