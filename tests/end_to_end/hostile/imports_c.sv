// does: calls code outside the simulator
// named: refused DPI import system
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    import "DPI-C" function int system(input string command);
    initial $display("%d", system("true"));
endmodule
