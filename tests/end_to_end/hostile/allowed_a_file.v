// does: writes a file that its owner allowed, outside its folder
// named: fails
// allow: fopen fwrite
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    integer f;
    initial begin f = $fopen("/tmp/everyedge_hostile_mark", "w"); if (f != 0) $fwrite(f, "here"); end
endmodule
