// does: two blocks that wake each other in zero time
// named: undecided hang
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    reg a = 0, b = 0;
    always @(b) if (q == 10) a = ~a;
    always @(a or q) if (q == 10) b = ~b;
endmodule
