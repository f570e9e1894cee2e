// holds: delays of gates
module dial (input clk, input rst, input en, output reg [3:0] q);
    wire wrap;
    and #(2, 3) (wrap, q[3], q[0]);
    always @(posedge clk) if (rst) q <= #1 0; else if (en) q <= #1 wrap ? 0 : q + 1;
endmodule
