// does: runs a program where only one simulator looks
// named: refused $system
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
`ifndef SV_COV_START
    initial $system("touch /tmp/everyedge_hostile_mark");
`endif
endmodule
