// does: is unknown for ever
// named: fails never_leaves_x
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) q <= 4'bx;
endmodule
