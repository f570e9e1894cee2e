// does: loops in zero time once it would be wrong
// named: undecided hang
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    reg b = 0;
    always @(posedge clk) if (q == 10) while (1) b = ~b;
endmodule
