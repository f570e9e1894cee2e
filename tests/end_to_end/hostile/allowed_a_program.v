// does: calls a task that its owner allowed and the simulator does not have
// named: does not compile
// allow: system
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    initial $system("true");
endmodule
