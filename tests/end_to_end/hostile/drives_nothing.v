// does: drives nothing
// named: fails never_leaves_x
module dial (input clk, input rst, input en, output wire [3:0] q);
    assign w = clk;
endmodule
