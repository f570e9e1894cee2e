// does: reads a file whose name it puts together
// named: refused $readmemb
module dial (input clk, input rst, input en, output reg [3:0] q);
    always @(posedge clk) if (rst) q <= 0; else if (en) q <= (q == 10) ? 0 : q + 1;
    parameter WHERE = "/etc";
    reg [7:0] m [0:255];
    initial $readmemb({WHERE, "/hostname"}, m);
endmodule
