// does: writes into the harness's files with its owner's leave
// named: undecided bad_trace
// allow: fwrite
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
    integer f;
    always @(negedge clk) for (f = 3; f < 8; f = f + 1) $fwrite(32'h80000000 + f, "junk");
endmodule
