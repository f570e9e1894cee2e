// does: a module that contains itself twice over
// named: does not compile
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    dial a (clk, rst, en, );
    dial b (clk, rst, en, );
endmodule
