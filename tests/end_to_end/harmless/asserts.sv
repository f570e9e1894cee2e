// holds: assertions that end the simulation
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
    always @(posedge clk) if (!rst) assert (q < 10 || $isunknown(q)) else $fatal(1, "q is %0d", q);
endmodule
