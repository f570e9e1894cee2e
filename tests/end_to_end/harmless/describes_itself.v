// holds: text made of values
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
    reg [8*16-1:0] label;
    always @(q) $sformat(label, "q = %0d", q);
endmodule
