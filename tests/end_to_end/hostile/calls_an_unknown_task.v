// does: calls a task that only the harness could have
// named: refused $everyedge_pass
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    initial $everyedge_pass;
endmodule
