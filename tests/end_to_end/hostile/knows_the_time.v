// does: is right only at first
// named: refused $time
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (($time < 1000000) ? 9 : 10)) ? 0 : q + 1;
endmodule
