// does: reads a file far above its folder
// named: refused $readmemh
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    reg [7:0] m [0:255];
    initial $readmemh("../../../../etc/hostname", m);
endmodule
