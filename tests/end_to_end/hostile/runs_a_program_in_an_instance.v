// does: runs a program two modules down, through a macro
// named: refused $system
`define CALL $system
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    inner u (clk);
endmodule
module inner (input c); innermost u (c); endmodule
module innermost (input c); initial `CALL("touch /tmp/everyedge_hostile_mark"); endmodule
