// does: prints without end
// named: fails
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    integer i;
    always @(posedge clk) for (i = 0; i < 40; i = i + 1) $display("%0d flood flood flood flood flood flood %m", i);
endmodule
