// does: makes a file outside its folder
// named: refused $fopen
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    integer f;
    initial begin f = $fopen("/tmp/everyedge_hostile_mark", "w"); $fclose(f); end
endmodule
