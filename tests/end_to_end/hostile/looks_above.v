// does: looks at what instantiates it
// named: does not compile
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (outside.right ? 9 : 10)) ? 0 : q + 1;
endmodule
module outside; reg right = 1; wire [3:0] q; dial u (1'b0, 1'b0, 1'b0, q); endmodule
