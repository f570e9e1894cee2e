// holds: prints, with the time and its name
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 9) ? 0 : q + 1;
    initial $display("%m starts at %t", $time);
    always @(q) $strobe("%0t: %0d", $realtime, q);
endmodule
