// holds: an initial block that waits and then prints
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
    initial begin #100 $display("still here"); #900 $display("and here"); end
endmodule
