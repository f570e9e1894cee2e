// holds: words for one simulator
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
`ifdef VERILATOR
    /* verilator lint_off UNUSED */
`endif
    // verilator lint_off WIDTH
    wire unused = q[0];
    // verilator lint_on WIDTH
endmodule
