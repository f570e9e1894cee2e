// holds: a block for simulation alone
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
`ifndef SYNTHESIS
    initial q = 0;
    always @(posedge clk) if (q > 9) $error("q is %0d", q);
`endif
    // synthesis translate_off
    initial $display("simulated");
    // synthesis translate_on
endmodule
