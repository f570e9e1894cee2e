// does: allocates gigabytes while it runs
// named: undecided
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    reg [1023:0] m [0:(1 << 23) - 1];
    integer i;
    always @(posedge clk) for (i = 0; i < (1 << 23); i = i + 1) m[i] = ~m[i];
endmodule
